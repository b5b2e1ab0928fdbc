"""finplan: plans wood finishing, from the first grit to the yearly upkeep."""

__version__ = "0.1.0"
