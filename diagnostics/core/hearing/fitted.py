"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 1.5218,
    "level": -4.0017,
    "pulse": -3.4187,
    "wave": -1.3918,
    "change": 0.5,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 1.713,
    "lost_share": 1.0771,
    "lost_rate": 1.8574,
    "late_lost_share": 1.1001,
    "sag": 0.10308,
    "wobble": 0.53368,
    "weak_firings": 1.3781,
    "skipping": -0.34022,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.25941, 0.29367),
    "lost_rate": (0.71441, 0.77122),
    "late_lost_share": (0.27777, 0.31654),
    "sag": (0.027272, 0.027361),
    "wobble": (0.014561, 0.013763),
    "weak_firings": (0.21007, 0.23655),
    "skipping": (0.16837, 0.30637),
}

# least confidence with which a verdict is given
CLEAR_FROM = 0.7

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.74
