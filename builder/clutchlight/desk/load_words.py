"""The load of each male in words: for how many he is planned, whose turn is next, and what his seasons came to."""

from __future__ import annotations

from collections.abc import Iterator

from clutchlight.desk.sentences import animals_of, called
from clutchlight.model import Collection
from clutchlight.planning.rotation import Load, SeasonOfAMale
from clutchlight.wording import words

MOST_SEASONS = 3


def load_lines(collection: Collection, load: Load) -> Iterator[str]:
    """ "Rook (M-05) is planned for four females: … Next: Plum (F-03)." with a warning where that is many, and his seasons."""
    who, dams = called(collection, load.male), animals_of(collection, load.females)
    turn = f" Next: {called(collection, load.turn)}." if load.turn and len(load.females) > 1 else ""
    yield f"{who} is planned for {words.counted(len(load.females), 'female')}: {dams}.{turn}"
    if load.over and load.limit is not None:
        number = f"at most {words.plural(int(load.limit.value), 'female')} in a winter"
        kind = " for a small or first-season male" if load.sooner else ""
        yield f"  ! That is many (rule: {number}{kind}; {load.limit.source}). People commonly plan another male for some of them."
    for season in load.seasons[-MOST_SEASONS:]:
        yield f"  {season_words(season)}"


def season_words(season: SeasonOfAMale) -> str:
    """ "2025/26: 7 locks; 2 clutches, 13 good eggs and 1 slug"."""
    parts = [words.plural(season.locks, "lock") if season.locks else "no lock is logged"]
    if season.clutches:
        parts.append(f"{words.plural(season.clutches, 'clutch', 'clutches')}, {_eggs(season)}")
    else:
        parts.append("no clutch of his on record")
    if season.doubtful:
        parts.append(f"{words.plural(season.doubtful, 'clutch', 'clutches')} that another may have sired")
    return f"{season.began}/{(season.began + 1) % 100:02d}: {'; '.join(parts)}"


def _eggs(season: SeasonOfAMale) -> str:
    """ "13 good eggs and 1 slug"; nothing is made of what was not counted."""
    parts = [words.plural(season.eggs, "good egg")] if season.uncounted < season.clutches else []
    parts += [words.plural(season.slugs, "slug")] if season.slugs else []
    several = f" in {season.uncounted} of them" if season.uncounted < season.clutches else ""
    counted = [words.join_and(parts)] if parts else []
    return ", ".join([*counted, *([f"eggs not counted{several}"] if season.uncounted else [])])
