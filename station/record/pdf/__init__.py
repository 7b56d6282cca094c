"""The print of a record for the file cabinet: a PDF, the same bytes whenever it is made of the same record.

document.py   verdict, body and sections become one file; the only door of this package
font.py       the letters that are shipped with it, and what becomes of one it has not got
sheet.py      the page: its edges, head, foot, marks of a drill
flow.py       headings, pairs, tables and columns that go on over pages
profile.py    the dive as depth over time, read from the record
plot.py       draws that
front.py      title, verdict, people, times
decompression.py  stops planned and served, schedule and its trail, oxygen, chamber, earlier dives
supplies.py   readings and the air
gear.py       outfit, inspection, dressing
duties.py     planning and briefing, after the dive, the law
back.py       notes, corrections, other tables, addenda, signatures
"""
