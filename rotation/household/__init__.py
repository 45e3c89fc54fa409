"""What a household says of itself: settings, breads and opening stock, read from files a person writes."""

from rotation.household.breads import Bread
from rotation.household.settings import Household
from rotation.household.stock import Stock

__all__ = ["Bread", "Household", "Stock"]
