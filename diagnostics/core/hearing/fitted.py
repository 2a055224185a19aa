"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 1.3312,
    "level": -6.144,
    "pulse": -4.8142,
    "wave": -1.5875,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 5.717,
    "lost_share": 2.3989,
    "lost_rate": 2.6968,
    "late_lost_share": 1.9953,
    "sag": 0.21392,
    "wobble": 0.93739,
    "fade": 0.36047,
    "weak_firings": 2.5912,
    "skipping": -0.92756,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.33691, 0.35989),
    "lost_rate": (0.66747, 0.74311),
    "late_lost_share": (0.34018, 0.37581),
    "sag": (0.023975, 0.025074),
    "wobble": (0.013488, 0.013724),
    "fade": (0.045979, 0.076165),
    "weak_firings": (0.22429, 0.25387),
    "skipping": (0.19348, 0.31416),
}

# least confidence with which a verdict is given, and a breakdown is
CLEAR_FROM, BREAKS_FROM = 0.85, 0.85

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.92
