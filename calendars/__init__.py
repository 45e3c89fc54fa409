"""Time, iCalendar and storage: what is in a family's calendars, and a place to write. Knows nothing of bread."""
