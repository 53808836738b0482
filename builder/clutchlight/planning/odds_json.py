"""Odds as the JSON that `odds --json` prints; its schema is schemas/odds.json. Fractions are strings in lowest terms."""

from __future__ import annotations

from fractions import Fraction

from clutchlight.planning.odds_values import Odds


def to_json(odds: Odds) -> dict[str, object]:
    """The document of one pairing; null where a chance is not computed or there is no such clutch."""
    return {
        "sire": odds.sire,
        "dam": odds.dam,
        "young": odds.young,
        "inbreeding": str(odds.inbreeding),
        "outcomes": [
            {
                "looks": list(outcome.looks),
                "sex": outcome.sex,
                "per_egg": str(outcome.per_egg),
                "at_least_one": str(outcome.at_least_one),
                "traits": [{"trait": one.trait, "carries": str(one.carries)} for one in outcome.unseen],
            }
            for outcome in odds.outcomes
        ],
        "proves": [
            {
                "animal": proof.animal,
                "trait": proof.trait,
                "chance": _text(proof.chance),
                "if_none": _text(proof.if_none),
            }
            for proof in odds.proves
        ],
    }


def _text(chance: Fraction | None) -> str | None:
    return None if chance is None else str(chance)
