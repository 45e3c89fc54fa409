"""The kitchen page and the calendar feed: what a phone sees. Views call use cases, show words, hold no rules."""
