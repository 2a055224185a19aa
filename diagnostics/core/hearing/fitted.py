"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 0.99476,
    "level": -5.6016,
    "pulse": -4.996,
    "wave": -2.0208,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 3.0726,
    "lost_share": 1.5229,
    "lost_rate": 1.6639,
    "late_lost_share": 1.2597,
    "sag": 0.19036,
    "wobble": 0.71846,
    "fade": 0.31406,
    "weak_firings": 2.1828,
    "skipping": -0.86496,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.33879, 0.36991),
    "lost_rate": (0.65794, 0.75278),
    "late_lost_share": (0.34751, 0.38255),
    "sag": (0.022597, 0.021907),
    "wobble": (0.012784, 0.012491),
    "fade": (0.045932, 0.077048),
    "weak_firings": (0.25482, 0.26588),
    "skipping": (0.16767, 0.30126),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.85, 0.9

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.92
