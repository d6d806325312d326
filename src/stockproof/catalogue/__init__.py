"""What the firm makes: items with price, size, power and control, and the rules between them."""

from stockproof.catalogue.items import KINDS, Item, ItemBase
from stockproof.catalogue.reader import Catalogue, Firm, read_catalogue

__all__ = ["KINDS", "Catalogue", "Firm", "Item", "ItemBase", "read_catalogue"]
