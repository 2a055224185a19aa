"""Numbers of the hearing, written by tests/revouts/fit.py, which says what they were fitted on."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": -1.3812,
    "level": -5.5519,
    "pulse": -2.8882,
    "wave": -1.7639,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 0.50819,
    "lost_share": 0.71228,
    "weak": 0.40097,
    "missed": 0.1764,
    "shallow": 0.24997,
    "answers": 0.75687,
    "dry_answers": 0.56065,
    "dry_runs": 0.55322,
    "jitter": 0.73614,
    "flutter": 0.58601,
    "pull": 0.5862,
    "lapses": 0.77091,
    "lulls": 0.77529,
}

# mean and spread of each feature where it was fitted
SCALES = {
    "lost_share": (0.26793, 0.31559),
    "weak": (-2.1149, 1.1093),
    "missed": (0.23484, 0.22515),
    "shallow": (0.2812, 0.21963),
    "answers": (0.28992, 0.32857),
    "dry_answers": (0.25766, 0.29569),
    "dry_runs": (-0.16467, 0.30175),
    "jitter": (0.010243, 0.0087708),
    "flutter": (0.29391, 0.2297),
    "pull": (0.32426, 0.31166),
    "lapses": (0.14788, 0.089772),
    "lulls": (-0.85186, 0.44451),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.7, 0.85

# for each reason the share of the unclear clips that nobody could have answered
UNCLEAR = {
    "short-clip": 0.5,
    "no-engine": 0.85,
    "no-rise": 0.54,
    "begins-late": 0.93,
    "no-tickover": 0.67,
    "no-climb": 0.49,
    "short-hold": 0.82,
    "jumps": 0.39,
    "no-swell": 0.4,
    "faint": 0.29,
    "doubt": 0.17,
}
