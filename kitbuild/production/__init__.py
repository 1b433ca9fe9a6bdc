"""Amounts -> what hands handle: picks, blanks and cut plans, cautions, cost."""
