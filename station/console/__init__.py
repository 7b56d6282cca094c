"""The console: what people at the station see and press. It shows figures and takes entries, no more.

app.py      the application, its tick and its keys     actions.py  the one registry of what a key does
desk.py     what every action works with               duties.py   who acts
flows/      one action each: ask, build an event, enter it
panes/      what is shown                              dialogs/    what is asked
words.py    figures as lines of text                   drill.py    a script played on the console
"""
