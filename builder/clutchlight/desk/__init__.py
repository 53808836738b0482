"""The private desk: the season's lists as pages for the screen, a file for the phone and a sheet for the wall.

`desk_files(book, theme, day)` makes every file; `season_lists(book, day)` with `season_text` and `season_json` serve the command
`season`. Nothing here is part of the public site, and no public page links here.
"""

from clutchlight.desk.files import desk_files
from clutchlight.desk.gathering import Season, season_lists
from clutchlight.desk.listing import season_json, season_text

__all__ = ["Season", "desk_files", "season_json", "season_lists", "season_text"]
