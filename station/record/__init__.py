"""The signed record of a dive: its layout, its signatures, the keys and the list of who may sign.

wire.py      the byte strings OpenSSH keys and signatures are made of
sshsig.py    one signature in the SSH signature format
keys.py      key files with a passphrase
signers.py   the list of who may sign as what, and when
signed.py    how a record is cut into body, statements and signatures
opening.py   is it a record at all, and of a version that is known
verify.py    is a record sound, and if not, what is the first thing wrong
declare.py   what a person says by signing, and whether that person may
agent.py     a running ssh-agent as the one who signs
signing.py   put a statement and a signature under a record
places.py    places in a body, as an addendum names them
stock.py     the shell lines that verify a record without this program
document.py  the body, built from the journal's entries
content.py   what a body must hold, beyond its signatures
render.py    a record as text
disk.py      new files that are whole or absent
"""
