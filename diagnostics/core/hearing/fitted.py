"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 1.3232,
    "level": -6.1528,
    "pulse": -4.8114,
    "wave": -1.582,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 4.3751,
    "lost_share": 1.966,
    "lost_rate": 2.1894,
    "late_lost_share": 1.6071,
    "sag": 0.37697,
    "wobble": 0.86612,
    "fade": 0.51695,
    "weak_firings": 2.2213,
    "skipping": -1.1873,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.34355, 0.36048),
    "lost_rate": (0.68189, 0.74636),
    "late_lost_share": (0.34808, 0.37633),
    "sag": (0.02382, 0.02483),
    "wobble": (0.013467, 0.013688),
    "fade": (0.045435, 0.075123),
    "weak_firings": (0.2364, 0.25468),
    "skipping": (0.15958, 0.29152),
}

# least confidence with which a verdict is given, and a breakdown is
CLEAR_FROM, BREAKS_FROM = 0.85, 0.9

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.91
