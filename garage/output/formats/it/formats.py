"""What Django writes in a field or a drawing is read by programs. What people read is written by our own filters."""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
DATE_INPUT_FORMATS = ["%Y-%m-%d"]
TIME_INPUT_FORMATS = ["%H:%M", "%H:%M:%S"]
DATETIME_INPUT_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S"]
