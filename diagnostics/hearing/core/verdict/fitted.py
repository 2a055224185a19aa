"""Numbers of the hearing, written by tests/revouts/fit.py, which says what they were fitted on."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": -1.3803,
    "level": -5.5534,
    "pulse": -2.8903,
    "wave": -1.7655,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 0.96662,
    "lost_share": 1.0379,
    "weak": 0.52538,
    "missed": 0.21381,
    "shallow": 0.12131,
    "answers": 0.83932,
    "dry_answers": 0.49473,
    "dry_runs": 0.5926,
    "jitter": 0.80176,
    "flutter": 0.59491,
    "pull": 0.68924,
    "lapses": 0.8467,
    "lulls": 0.52119,
}

# mean and spread of each feature where it was fitted
SCALES = {
    "lost_share": (0.25975, 0.31638),
    "weak": (-2.1569, 1.1148),
    "missed": (0.22894, 0.22737),
    "shallow": (0.27727, 0.22192),
    "answers": (0.29187, 0.32877),
    "dry_answers": (0.26016, 0.29706),
    "dry_runs": (-0.16915, 0.30057),
    "jitter": (0.0098572, 0.0088124),
    "flutter": (0.28909, 0.23144),
    "pull": (0.3261, 0.3133),
    "lapses": (0.14543, 0.089964),
    "lulls": (-0.82398, 0.42344),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.7, 0.85

# for each reason the share of the unclear clips that nobody could have answered
UNCLEAR = {
    "short-clip": 0.5,
    "no-engine": 0.85,
    "no-rise": 0.54,
    "begins-late": 0.93,
    "no-tickover": 0.64,
    "no-climb": 0.46,
    "short-hold": 0.81,
    "long-hold": 0.65,
    "jumps": 0.41,
    "no-swell": 0.4,
    "faint": 0.29,
    "doubt": 0.2,
}
