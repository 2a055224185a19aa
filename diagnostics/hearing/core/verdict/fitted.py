"""Numbers of the hearing, written by tests/revouts/fit.py, which says what they were fitted on."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": -1.2906,
    "level": -5.4917,
    "pulse": -2.9375,
    "wave": -1.8475,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 0.99482,
    "lost_share": 1.1018,
    "weak": 0.67994,
    "missed": 0.24688,
    "shallow": 0.055419,
    "answers": 0.88101,
    "dry_answers": 0.62542,
    "dry_runs": 0.69264,
    "jitter": 0.78195,
    "flutter": 0.47673,
    "pull": 0.54264,
    "lapses": 1.0739,
    "lulls": 0.5928,
}

# mean and spread of each feature where it was fitted
SCALES = {
    "lost_share": (0.26258, 0.31686),
    "weak": (-2.1554, 1.1168),
    "missed": (0.22447, 0.22631),
    "shallow": (0.27274, 0.22119),
    "answers": (0.29875, 0.32885),
    "dry_answers": (0.26861, 0.29612),
    "dry_runs": (-0.16112, 0.29752),
    "jitter": (0.0098197, 0.0088578),
    "flutter": (0.28778, 0.231),
    "pull": (0.32326, 0.31567),
    "lapses": (0.14452, 0.088686),
    "lulls": (-0.82189, 0.42331),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.75, 0.9

# for each reason the share of the unclear clips that nobody could have answered
UNCLEAR = {
    "short-clip": 0.5,
    "no-engine": 0.85,
    "no-rise": 0.59,
    "begins-late": 0.92,
    "no-tickover": 0.69,
    "no-climb": 0.45,
    "short-hold": 0.81,
    "long-hold": 0.65,
    "jumps": 0.38,
    "no-swell": 0.4,
    "faint": 0.29,
    "doubt": 0.19,
}
