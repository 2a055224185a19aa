"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 1.4452,
    "level": -6.1317,
    "pulse": -4.8052,
    "wave": -1.7747,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 5.0474,
    "lost_share": 2.2421,
    "lost_rate": 2.4528,
    "late_lost_share": 1.8543,
    "sag": 0.32211,
    "wobble": 0.92265,
    "fade": 0.63745,
    "weak_firings": 2.6016,
    "skipping": -1.2656,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.3416, 0.36056),
    "lost_rate": (0.67952, 0.74441),
    "late_lost_share": (0.3468, 0.37452),
    "sag": (0.023811, 0.024673),
    "wobble": (0.013447, 0.013623),
    "fade": (0.045292, 0.075104),
    "weak_firings": (0.23539, 0.2542),
    "skipping": (0.16384, 0.29677),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.9, 0.85

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.92
