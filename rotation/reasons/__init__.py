"""Why a plan is as it is, what would have to change, what if: found by solving again, never by a template alone."""
