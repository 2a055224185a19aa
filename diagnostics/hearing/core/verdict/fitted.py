"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 0.99476,
    "level": -5.6016,
    "pulse": -4.996,
    "wave": -2.0208,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 3.0096,
    "lost_share": 2.3023,
    "weak": 3.9951,
    "wobble": 0.39664,
    "answers": 1.595,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.33923, 0.3702),
    "weak": (-1.9481, 1.2546),
    "wobble": (0.012801, 0.012458),
    "answers": (0.37215, 0.33014),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.85, 0.9

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.93
