"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on its set `fit`, chosen on its set `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change between firing and failing
MISSING = {
    "always": 1.644,
    "level": -3.8517,
    "pulse": -3.5493,
    "wave": -1.359,
    "change": 0.5,
}

# log odds that the ignition breaks down: constant, and weight of each feature in units of its spread
VERDICT = {
    "always": 1.0051,
    "lost_share": 1.0106,
    "lost_rate": 1.5455,
    "late_lost_share": 0.97067,
    "sag": 0,
    "wobble": 0.34726,
    "weak_firings": 1.1868,
    "skipping": -0.43879,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.25725, 0.28954),
    "lost_rate": (0.76757, 0.73595),
    "late_lost_share": (0.27581, 0.31408),
    "sag": (0.028965, 0.030333),
    "wobble": (0.015048, 0.014319),
    "weak_firings": (0.20986, 0.23748),
    "skipping": (0.16937, 0.30629),
}

# least confidence with which a verdict is given
CLEAR_FROM = 0.75

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.73
