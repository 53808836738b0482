"""Names that people give to the columns of their spreadsheets → what to call the column here, in words.

Plain English and the words of the trade, in small letters; `m f` stands for M/F, `price eur` for Price (EUR).
"""

from __future__ import annotations

from collections.abc import Mapping

_LOOKS = "part it: looks go into a column 'shows', hets into a column 'hets', such as 66% het Piebald; het Clown"
_WEIGHTS = "weights go into the log: a table with the columns date, animal, event and value, taken in with --as log"

_ANIMALS = {
    "id": "animal|animal id|snake|snake id|number|tag|ref|reference|code|identifier",
    "sex": "gender|m f|male female",
    "hatched": "dob|d o b|date of birth|birth date|birthdate|birthday|born|hatch date|hatchdate|date hatched|hatched on|year",
    "sire": "father|dad|male|male parent|sire id|father id",
    "dam": "mother|mum|mom|female|female parent|dam id|mother id",
    "shows": "look|looks|visual|visuals|phenotype|appearance|colour|color|pattern",
    "hets": "het|het for|possible het|possible hets|pos het|pos hets|poss het|poss hets|heterozygous|carries",
    "status": "availability|available|for sale|sale status|state",
    "price": "cost|asking price|price eur|price usd|price gbp",
    "name": "nickname|pet name|title",
    "came": "acquired|bought|obtained|how acquired",
    "left": "sold|gone|departed|how left",
    "note": "notes|comment|comments|remark|remarks|description|breeder|source|bought from|buyer|paid|location|rack|tub",
}
_CLUTCHES = {
    "id": "clutch|clutch id|clutch number|number|code|ref|reference",
    "sire": "father|male|male parent|sires|males",
    "dam": "mother|female|female parent",
    "laid": "lay date|laid on|date laid|laying date|date of laying|oviposition",
    "eggs": "egg count|good eggs|fertile|fertile eggs|viable|viable eggs|number of eggs",
    "slugs": "slug|slug count|infertile|infertile eggs|duds",
    "went_bad": "bad eggs|bad|failed|failed eggs|moldy|mouldy|lost eggs",
    "unseen": "dead in egg|died in egg|stillborn|full term dead",
    "hatched": "hatch date|date hatched|hatched on|pip date",
    "ended": "end date|failed on",
    "tally": "hatchlings|babies|young|offspring|results|outcome",
    "note": "notes|comment|comments|remark|remarks|incubator|temperature",
}
_LOG = {
    "date": "day|when|on",
    "animal": "id|animal id|snake|snake id|name|female|male",
    "event": "type|activity|what|action|happening|category",
    "with": "partner|mate|paired with|other",
    "value": "amount|grams|weight|weight g|prey|food|result|quantity",
    "note": "notes|comment|comments|remark|remarks|details",
}


def _remedies(names: Mapping[str, str], own: Mapping[str, str]) -> Mapping[str, str]:
    found = {name: f"call it '{column}'" for column, others in names.items() for name in others.split("|")}
    return {**found, **own}


_MIXED = "morph|morphs|genetics|genes|gene|genotype|mutation|mutations|traits|trait"
OTHER_ANIMAL_COLUMNS = _remedies(
    _ANIMALS,
    {
        **dict.fromkeys(_MIXED.split("|"), _LOOKS),
        **dict.fromkeys(("weight", "weight g", "grams", "current weight"), _WEIGHTS),
    },
)
OTHER_CLUTCH_COLUMNS = _remedies(_CLUTCHES, {})
OTHER_LOG_COLUMNS = _remedies(_LOG, {})
