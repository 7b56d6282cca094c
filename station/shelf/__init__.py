"""The shelf: past records in a folder, and an index over them. The files are the truth.

reading.py    a record's bytes read once: verdict and body
entry.py      what the index keeps of one file, read from that file alone
index.py      the index in SQLite: its schema, how it is brought up to date, thrown away and made anew
scan.py       what stands in the folder, and what of it must be read
query.py      what is asked of it
shelf.py      the one door: a folder of records with its index
earlier.py    the dives of late that count for the next one, read from their files
diver.py      a diver's own log, totals, group and interval now, wait before flying
retention.py  up to which day each record is kept
check.py      every record verified once more
bring.py      records of another station's folder taken in
spread.py     work over several processes
"""
