"""The words of breeders' lists, each list once: of sexes, states, days, money and eggs. Common practice, no source.

The words of genes stand in `genes`, those of columns in `columns`. A text of `word|word` is one side of a pattern.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import get_args

from clutchlight.model import Sex, Status
from clutchlight.reading.fields import SEXES
from clutchlight.reading.shapes import MEANT_BY_STATUS
from clutchlight.reading.text import by_word


def plain(cell: str) -> str:
    """A cell without what stands around its words and between them: blanks, a full stop, a comma; that of `1.10.` is a part of it."""
    stop = "." if re.search(r"(?<![0-9.])[0-9]{1,2}\.\s?[0-9]{1,2}\.\s*$", cell) else ""
    return " ".join(cell.strip().strip(".,;").split()) + stop


def letters_of(text: str) -> str:
    """Its letters and figures: `BP041`, `bp-041` and `BP 041` may be one animal."""
    return re.sub(r"[\W_]+", "", text.casefold())


def one_of(words: str) -> re.Pattern[str]:
    """The pattern of one of several words, in capitals or not."""
    return re.compile(words, re.IGNORECASE)


MONTHS = by_word(
    {
        1: "january|jan|janvier|janv|januar|jaenner|jänner|enero|ene|gennaio|gen|januari",
        2: "february|feb|fevrier|février|fevr|févr|februar|febrero|febbraio|februari",
        3: "march|mar|mars|maerz|märz|mrz|marzo|maart|mrt",
        4: "april|apr|avril|avr|abril|abr|aprile",
        5: "may|mai|mayo|maggio|mag|mei",
        6: "june|jun|juin|juni|junio|giugno|giu",
        7: "july|jul|juillet|juil|juli|julio|luglio|lug",
        8: "august|aug|aout|août|agosto|ago|augustus",
        9: "september|sep|sept|septembre|septiembre|settembre|set",
        10: "october|oct|octobre|oktober|okt|octubre|ottobre|ott",
        11: "november|nov|novembre|noviembre",
        12: "december|dec|decembre|décembre|déc|dezember|dez|diciembre|dic|dicembre",
    }
)
ABOUT = r"~|c\.|about|approx\.?|ca\.?|circa|around|um|env\.?|vers"
BEFORE = "<|before|vor|avant|antes de"
SEASONS = "spring|summer|autumn|fall|winter"

SEX_WORDS: Mapping[str, Sex] = {
    **SEXES,
    **by_word(
        {
            "male": "man|mann|männl|männlich|mâle|macho|maschio|mannetje|männchen|mannlich|♂|boy",
            "female": "fem|w|v|weibl|weiblich|femelle|hembra|femmina|vrouw|pop|weibchen|♀|girl",
            "unknown": "?|u|unk|unknown|unsexed|not sexed|n/a|-|unbekannt|inconnu",
        }
    ),
}

# ---- whose it is, and what became of it

YES = one_of("[xy✓]|yes|ja|oui")
NO = "no?|nein|non"
NOTHING = one_of(r"[-–—]+|n\.?/a\.?")
NOBODY = one_of(
    rf"[-–—?]+|{NO}|not sold|unsold|unk(?:nown)?\.?|not known|n\.?/?a\.?|none|nobody|unbekannt|inconnue?s?|desconocid[oa]s?|onbekend"
)
"""In place of a name: that there is nobody, or that nobody knows."""
NOTHING_KNOWN = one_of(rf"{NOBODY.pattern}|none known|nothing(?: known)?|n/?k|tb[cd]|don['’]?t know")
"""In place of what is carried."""
NO_PARENT = one_of(rf"{NOBODY.pattern}|wc|wild|wild[- ]caught|farmed|captive[- ]bred|cbb?")
"""In place of a parent: that nobody knows it."""
ME = "me|mine|myself|us|ours|we|moi|nous|ich|mir|mich|uns"
BRED_HERE = one_of(
    rf"(?:own|own[- ]?bred|own breeding|(?:home|self)[- ]?bred|self|home|(?:hatched|bred|born|produced) (?:here|at home|(?:by )?(?:{ME}))"
    rf"|{ME}|(?:my|own|our)(?: own)?(?: (?:clutch|breeding|hatch))?|eigene? (?:nach)?zucht|enz)"
    r"(?P<more>(?: (?:19|20)\d\d)?(?: ?\([^()]*\))?)\??"
)
"""In place of a seller: that it was bred here, perhaps with its year, and more in brackets, behind."""
DITTO = "same(?: (?:as above|buyer|person|guy|customer))?|ditto|idem"
NO_PERSON = one_of(
    r"(?:(?:at|@|on|via|the|to)\s+)*(?:wholesaler?|local(?:ly| (?:buyer|guy|pick[- ]?up))?|walk[- ]?in|online|internet|facebook|fb|auction"
    r"|private(?: sale)?|consignment|store credit|(?:an? |my )?(?:friend|customer|dealer|vendor)|some(?:one|body)"
    rf"|{DITTO}|gone"
    r"|(?:(?!(?:at|from|via)\s)[^\W\d_][\w.'’&-]*\s+){0,3}(?:expo|show|fair|swap meet|börse|messe|bourse|beurs)"
    rf"(?:\s+(?:{SEASONS}|{'|'.join(MONTHS)}))?|(?:börse|messe|bourse|beurs)\s+\w+)"
)
"""In place of a buyer: a place or a way of sale, or one whom nobody could find by it."""
SOLD = "sold|verkauft|vendu|vendue|vendido|vendida|verkocht"
HELD = "reserved|reserviert|réservé|réservée|on hold"
HELD_SHORT = "res|resv"
DEPOSIT = "pending|deposit|on deposit"
COLLECTED = "collect(?:s|ing|ion)?|pick(?:s|ing)?[ -]?up|abholung|holt ab"
HOW_DIED = "doa|dead on arrival|euthanized|euthanised"
DIED = f"died|dead|deceased|rip|gestorben|verstorben|mort|morte|décédé|décédée|{HOW_DIED}"
LOST = "lost|escaped|missing|stolen|entlaufen|entwischt|perdu|perdue|weggelopen"
LOAN = "loan|borrowed|leihe"
LENT = f"{LOAN}|loaned|lent|lend|leih|geliehen|verliehen|prêt|prêté|prêtée?"
GIFT = "given|gave|gift|gifted|geschenk"
BACK = "came back|is back|brought back|sent back|took (?:him|her|it) back|returned|zurück(?:gekommen|gegeben)?|rendue?"
DOUBT = "maybe|perhaps|possibly|vielleicht|peut-être"
NO_NAME = "at|bei|chez|with|by|for|from|via|was|to|not|no|see|ask|waiting|out|back"
"""What may begin a cell of a buyer and begins no name."""
STATUS_WORDS: Mapping[str, str] = {
    **{word: word for word in get_args(Status)},
    **{word: status for word, status in MEANT_BY_STATUS.items() if "`" not in status},
    **by_word(
        {
            "available": "avail|avl|dispo|for sale|zu verkaufen|verfügbar|abzugeben|à vendre|disponible|te koop",
            "holdback": "hb|h/b|hold back|keeping|keep|kept back|behalten|à garder",
            "growing on": "not ready|growing|grow out|growing out|too small|unestablished",
            "breeder": "adult|proven breeder|breeding|zuchttier|zucht|zuchtgruppe|reproducteur|reproductrice",
            "sold": f"{SOLD}|verk|abgegeben",
            "on hold": f"{HELD}|{HELD_SHORT}|{DEPOSIT}",
            "not for sale": "me|us|ours|mine|nfs|pet|collection|own",
            "died": f"{DIED}|tot|†",
        }
    ),
}
CAME = by_word(
    {
        "trade": "trade|traded|swap|swapped|swop|tausch|getauscht|échange",
        "loan": f"{LOAN}|leihgabe",
        "": f"{GIFT}|free|gratis|gratuite?|kostenlos|won|raffle|rescue|rescued|found|present|inherited|adopted|geschenkt|gefunden|cadeau",
        "bought": "bought|purchased|gekauft|achete|acheté|achetée|comprado",
    }
)
"""How an animal came, by a word of the cell that names from where; "" where none of our words fits."""

# ---- eggs

EGGS = by_word(
    {
        "good": "good|fertile|good eggs|fertile eggs",
        "eggs": "egg|eggs",
        "slugs": "slug|slugs",
        "went_bad": "went bad|bad",
        "unseen": "unseen",
    }
)
"""What is counted of a clutch; whether slugs are among its eggs is not said."""
EGGS_COUNTED = one_of(rf"\b([0-9]{{1,3}})\s*({'|'.join(sorted(EGGS, key=len, reverse=True))})\b")


def eggs_in(text: str) -> dict[str, str]:
    """What a text counts of a clutch."""
    return {EGGS[what.casefold()]: number for number, what in EGGS_COUNTED.findall(text)}


# ---- money

SIGNS = by_word(
    {
        "EUR": "€|eur|euro",
        "USD": "us$|usd$",
        "GBP": "£",
        "CHF": "fr|sfr",
        "CAD": "c$|ca$|cad$|cdn|cdn$",
        "AUD": "a$|au$|aud$",
        "NZD": "nz$|nzd$",
        "$": "$",
    }
)
"""What a sign or a word beside a sum means; `$` is of any of DOLLARS."""
DOLLARS = ("USD", "CAD", "AUD", "NZD")
CODES = ("EUR", "USD", "GBP", "CHF", "CAD", "AUD", "DKK", "SEK", "NOK", "PLN", "CZK", "ZAR", "JPY", "NZD")
MONEY = "[€$£]|eur|euro|usd|gbp|chf"
PAY = "pd|paid|bezahlt|payé"
STILL_TO_PAY = (
    r"deposit|dep|anzahlung|acompte|owes?|owed|owing|unpaid|to pay|iou|payments?|instal?ments?|outstanding|refund(?:ed)?|raten|arrhes"
    r"|[0-9]+\s*(?:down|open|offen)"
    r"|(?:half|rest|balance|remainder|hälfte)\b.*\b(?:open|offen|due|pick(?:ed)?[ -]?up|collection|later|missing|to (?:pay|come|follow))"
    r"|(?:rest|balance|remainder) (?:in|on|at|by)"
)
"""That not all was paid, or not at once."""
HOW_PAID = "cash|bar|cheque|check|bank|transfer|überweisung|invoice|rechnung|card"
TERMS = (
    r"o\.?b\.?o\.?|o\.?n\.?o\.?|or best offer|vh?b|fp|fix(?:ed)?|festpreis|firm|neg(?:otiable)?|each|ea|shipped"
    r"|(?:plus|incl|inkl|zzgl)?\.?\s*(?:shipping|shipment|versand|port)"
)
"""What may stand beside an amount that is the price of one animal."""
ASK = "ask|make offer|offer|offers|inquire|enquire|on request|tbd|vb|auf anfrage|sur demande|p.o.r."
