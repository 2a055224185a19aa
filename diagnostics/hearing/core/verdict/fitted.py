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
    "always": 0.73793,
    "lost_share": 0.54236,
    "weak": 0.38253,
    "missed": 0.46359,
    "shallow": 0.547,
    "answers": 0.63215,
    "dry_answers": 0.23998,
    "dry_runs": 0.48453,
    "regains": 0.6477,
    "abrupt": 0.222,
    "flutter": 0.9655,
    "pull": 0.56716,
    "lapses": 0.88122,
    "lulls": 0.54727,
    "skipping": -0.61833,
}

# mean and spread of each feature where it was fitted
SCALES = {
    "lost_share": (0.27665, 0.32104),
    "weak": (-2.1092, 1.1341),
    "missed": (0.24644, 0.23296),
    "shallow": (0.28972, 0.22332),
    "answers": (0.29435, 0.32726),
    "dry_answers": (0.25918, 0.29148),
    "dry_runs": (-0.1604, 0.29922),
    "regains": (0.1396, 0.12982),
    "abrupt": (0.7795, 0.29982),
    "flutter": (0.29582, 0.23007),
    "pull": (0.32674, 0.3184),
    "lapses": (0.14965, 0.094062),
    "lulls": (-0.82587, 0.4264),
    "skipping": (0.13453, 0.28134),
}

# least confidence with which a clip is said to rev out, and to break down
CLEAR_FROM, BREAKS_FROM = 0.75, 0.9

# for each reason the share of the unclear clips that nobody could have answered
UNCLEAR = {
    "short-clip": 0.5,
    "no-engine": 0.87,
    "no-rise": 0.68,
    "begins-late": 0.92,
    "no-tickover": 0.6,
    "no-climb": 0.35,
    "short-hold": 0.89,
    "long-hold": 0.7,
    "jumps": 0.27,
    "no-swell": 0.5,
    "faint": 0.5,
    "doubt": 0.37,
}
