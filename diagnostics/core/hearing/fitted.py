"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 0.76889,
    "level": -6.2018,
    "pulse": -4.2712,
    "wave": -1.4857,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 2.3084,
    "lost_share": 1.5866,
    "lost_rate": 2.0482,
    "late_lost_share": 1.2756,
    "sag": 0,
    "wobble": 0.45626,
    "fade": 0.11651,
    "weak_firings": 1.7445,
    "skipping": -0.25621,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.35302, 0.37432),
    "lost_rate": (0.69363, 0.76123),
    "late_lost_share": (0.35942, 0.39427),
    "sag": (0.023591, 0.024213),
    "wobble": (0.013063, 0.012826),
    "fade": (0.046772, 0.07751),
    "weak_firings": (0.21931, 0.25421),
    "skipping": (0.24651, 0.33521),
}

# least confidence with which a verdict is given, and a breakdown is
CLEAR_FROM, BREAKS_FROM = 0.8, 0.95

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.83
