"""pcaudit: is this PC, and everything around it, ready for the instrument?"""

__version__ = "0.1.0"
