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
    "always": 4.3776,
    "lost_share": 2.048,
    "lost_rate": 2.2401,
    "late_lost_share": 1.7295,
    "sag": 0.24678,
    "wobble": 0.83249,
    "fade": 0.3079,
    "weak_firings": 2.2958,
    "skipping": -1.1886,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.33949, 0.35933),
    "lost_rate": (0.67447, 0.74414),
    "late_lost_share": (0.34326, 0.37557),
    "sag": (0.023975, 0.025074),
    "wobble": (0.013488, 0.013724),
    "fade": (0.045979, 0.076165),
    "weak_firings": (0.23361, 0.25381),
    "skipping": (0.16217, 0.29417),
}

# least confidence with which a verdict is given, and a breakdown is
CLEAR_FROM, BREAKS_FROM = 0.85, 0.85

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.92
