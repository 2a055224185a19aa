"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 1.0594,
    "level": -6.1283,
    "pulse": -4.6055,
    "wave": -1.5119,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 3.6667,
    "lost_share": 1.8056,
    "lost_rate": 2.2095,
    "late_lost_share": 1.4107,
    "sag": 0.15049,
    "wobble": 0.94789,
    "fade": 0.41579,
    "weak_firings": 2.0183,
    "skipping": -0.76335,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.35143, 0.37223),
    "lost_rate": (0.69282, 0.75668),
    "late_lost_share": (0.36054, 0.38789),
    "sag": (0.023109, 0.02162),
    "wobble": (0.013017, 0.012418),
    "fade": (0.04529, 0.074593),
    "weak_firings": (0.22585, 0.25517),
    "skipping": (0.20465, 0.32384),
}

# least confidence with which a verdict is given, and a breakdown is
CLEAR_FROM, BREAKS_FROM = 0.8, 0.85

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.92
