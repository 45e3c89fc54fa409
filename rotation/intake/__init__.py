"""From settings, calendars and the freezer to a `Problem`: all that is to be planned, as understood."""

from rotation.intake.build import Intake, PublishedBake, PublishedThaw, build
from rotation.intake.notes import Note
from rotation.intake.sources import read_calendars
from rotation.intake.stock import Bag, opening

__all__ = ["Bag", "Intake", "Note", "PublishedBake", "PublishedThaw", "build", "opening", "read_calendars"]
