"""The words of the command `station`: every command with its summary, examples and arguments, as plain data.

Each command names the module and function that it runs; none is imported before, so that help comes at once.
"""

from station.caution import CAUTION
from station.commands import (
    words_air,
    words_browser,
    words_check,
    words_dive,
    words_key,
    words_print,
    words_record,
    words_shelf,
)
from station.commands.argument import Command

EPILOG = f"""\
files are kept in a folder named by --folder, else by STATION_FOLDER, else the platform's data folder

exit codes:
  0 done                      6 a record is not sound
  1 unforeseen fault          7 a signing key is missing, locked or of the wrong kind
  2 wrong words of a command  8 disk full, read-only or out of reach
  3 a file fails its checks   9 no terminal, or no browser package
  4 journal damaged, foreign 10 a drill did not end as its scenario says
  5 an entry was refused    130 interrupted
129 the terminal was closed 131 ended by the key for it, as Ctrl-\\
143 the console was told to end from outside

{CAUTION}"""

COMMANDS: tuple[Command, ...] = (
    *words_dive.COMMANDS,
    *words_browser.COMMANDS,
    *words_air.COMMANDS,
    *words_check.COMMANDS,
    *words_key.COMMANDS,
    *words_record.COMMANDS,
    *words_print.COMMANDS,
    *words_shelf.COMMANDS,
)
