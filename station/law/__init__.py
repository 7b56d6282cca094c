"""What the law asks of a dive: pure rules from the files of the authorities; no list of any law is code.

keys.py        every key of a record that a rule file may name
conditions.py  when something is asked, and what is known of a dive for it
model.py       the rule file of an authority, as declared
asked.py       which fields and duties several authorities ask for of one dive
after.py       how long a diver is observed, and how long the record is kept
"""
