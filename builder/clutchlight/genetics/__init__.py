"""Exact inference over a pedigree. Standard library only; figures in, figures out, no words for readers."""
