"""Numbers of the hearing, written by tests/revouts/fit.py, which says what they were fitted on."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": -1.2527,
    "level": -5.5371,
    "pulse": -2.8131,
    "wave": -1.9668,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 0.60584,
    "lost_share": 0.76516,
    "weak": 0.4388,
    "missed": 0.33166,
    "shallow": 0.44861,
    "answers": 0.71992,
    "dry_answers": 0.32408,
    "dry_runs": 0.76156,
    "jitter": 0.067616,
    "flutter": 0.73253,
    "pull": 0.62493,
    "lapses": 1.1986,
    "lulls": 0.43457,
    "skipping": -0.56775,
}

# mean and spread of each feature where it was fitted
SCALES = {
    "lost_share": (0.27048, 0.31859),
    "weak": (-2.1262, 1.128),
    "missed": (0.23873, 0.23029),
    "shallow": (0.2847, 0.22102),
    "answers": (0.29127, 0.33615),
    "dry_answers": (0.25948, 0.29418),
    "dry_runs": (-0.17203, 0.29281),
    "jitter": (0.00996, 0.0089475),
    "flutter": (0.29069, 0.2261),
    "pull": (0.32678, 0.31918),
    "lapses": (0.14482, 0.088281),
    "lulls": (-0.81885, 0.41594),
    "skipping": (0.13338, 0.2807),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.75, 0.9

# for each reason the share of the unclear clips that nobody could have answered
UNCLEAR = {
    "short-clip": 0.5,
    "no-engine": 0.88,
    "no-rise": 0.64,
    "begins-late": 0.94,
    "no-tickover": 0.7,
    "no-climb": 0.45,
    "short-hold": 0.91,
    "long-hold": 0.65,
    "jumps": 0.25,
    "no-swell": 0.5,
    "faint": 0.38,
    "doubt": 0.29,
}
