"""Keys by a panel: several mentors key a class, none of whom sees another's key before all are in."""
