"""From settings, calendars and the freezer to a `Problem`: all that is to be planned, as understood."""
