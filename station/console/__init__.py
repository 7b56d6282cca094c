"""The console: what people at the station see and press. It shows figures and takes entries, no more.

app.py      the application: it switches and ticks     taking.py   keys taken, one action at a time
actions.py  the one registry of what a key does        keymap.py   other keys by the station file
desk.py     what every action works with               duties.py   who acts
flows/      one action each: ask, build an event, enter it
seats/      what each of the three looks at            panes/      pages and parts of them
dialogs/    what is asked                              heed.py     alarms noted and heard
words*.py   figures as lines of text                   drill.py    a script played on the console
"""
