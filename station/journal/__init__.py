"""The journal: append, read, follow and verify the chained entries of one operation.

`interface` says what the station needs of a journal, `store` keeps one in a file, `memory` keeps
one for a test or a drill that leaves no trace, `verify` checks a file from end to end, and `chain` holds the
formula alone, so that a record can be checked without any storage.
"""
