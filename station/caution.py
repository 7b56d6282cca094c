"""The sentence that stands wherever it matters: in the help, on the first screen, on every record."""

CAUTION = (
    "This program advises; the supervisor decides. Local law, the employer's manual, the printed tables at "
    "the station and licensed practice come first. Surface-supplied diving kills when it is done without "
    "training."
)
