"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""

# log odds that a firing is missing: constant, weight of each measure, price of a change of state
MISSING = {
    "always": 1.0631,
    "level": -6.1256,
    "pulse": -4.6067,
    "wave": -1.5146,
    "change": 1,
}

# log odds that the ignition breaks down: constant, weight of each feature in units of its spread
VERDICT = {
    "always": 4.5779,
    "lost_share": 2.0818,
    "lost_rate": 2.5001,
    "late_lost_share": 1.6309,
    "sag": 0.16147,
    "wobble": 1.0581,
    "fade": 0.3783,
    "weak_firings": 2.3043,
    "skipping": -0.84222,
}

# mean and spread of each feature on the set `fit`
SCALES = {
    "lost_share": (0.34734, 0.37216),
    "lost_rate": (0.68339, 0.75662),
    "late_lost_share": (0.35745, 0.38951),
    "sag": (0.022597, 0.020863),
    "wobble": (0.012662, 0.011992),
    "fade": (0.04443, 0.074301),
    "weak_firings": (0.22446, 0.25557),
    "skipping": (0.21063, 0.32651),
}

# least confidence with which a verdict is given, and a breakdown is
CLEAR_FROM, BREAKS_FROM = 0.8, 0.85

# share of the clips ruled unclear that could not be answered
RULED_OUT = 0.87
