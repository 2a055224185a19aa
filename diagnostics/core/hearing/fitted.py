"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 1.3732,
    "level": -6.0674,
    "pulse": -4.8232,
    "wave": -1.6209,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 4.931,
    "lost_share": 1.8365,
    "lost_rate": 2.0645,
    "late_lost_share": 1.4453,
    "sag": 0.35206,
    "wobble": 1.0756,
    "fade": 0.63874,
    "weak_firings": 2.6474,
    "skipping": -1.0778,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.33146, 0.36448),
    "lost_rate": (0.65462, 0.7531),
    "late_lost_share": (0.3392, 0.37821),
    "sag": (0.023376, 0.023816),
    "wobble": (0.01316, 0.012883),
    "fade": (0.0449, 0.074534),
    "weak_firings": (0.234, 0.25376),
    "skipping": (0.15625, 0.29142),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.9, 0.9

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.91
