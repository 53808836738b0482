"""Figures into words: what the site says of each animal and clutch, and the files made from that."""
