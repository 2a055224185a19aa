"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 0.9995,
    "level": -5.6166,
    "pulse": -5.0564,
    "wave": -1.9129,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 2.7084,
    "lost_share": 1.4667,
    "lost_rate": 1.5912,
    "late_lost_share": 1.2508,
    "sag": 0.18097,
    "wobble": 0.61083,
    "fade": 0.33455,
    "weak_firings": 2.0028,
    "skipping": -0.68098,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.33968, 0.36954),
    "lost_rate": (0.66195, 0.75262),
    "late_lost_share": (0.34855, 0.38215),
    "sag": (0.022933, 0.022852),
    "wobble": (0.012876, 0.012609),
    "fade": (0.045428, 0.076384),
    "weak_firings": (0.25235, 0.26629),
    "skipping": (0.15694, 0.29137),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.9, 0.9

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.94
