"""Clutchlight: a breeder's plain-text records in, honest statements of what each snake carries out."""

__version__ = "0.1.0"
