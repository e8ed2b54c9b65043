"""The design page: the whole job in a browser, YAML last.

State lives here, on the server, once for each job file (`session.Session`); pages are views of it and hold nothing that
cannot be shown again. What knows no browser (session, history, form, figures, mend) is plain Python and is tested
without one; `*_panel.py` draw with NiceGUI and are loaded by the command alone.

**How a panel is added.** Write a module with a function `draw(view: View) -> None` that makes NiceGUI elements in the
place it is called in, and name it in `panels.PANELS` with its title and the tab it stands in. `view.session` is the
job: `view.state` is what is known of it now (text, Job, Design, faults, findings, numbers: a frozen `State`);
`view.watch(callback)` calls back with every new State in the event loop, at once with the one that is there, until the
page is closed; a panel hears while it is open, and what it missed when it is opened again. `view.set(key, text)`
changes a value as a person types it, and never blocks: parsing and design run in the session's own thread.
`view.in_hand` is the key of the field a person is at; `view.watch_hand(callback)` hears of another, `view.take(key)`
goes to its field. What takes more than a few milliseconds is awaited with `await run.io_bound(…)` (or asked of a
process; `latest.Latest` leaves out states that came and went), never done in a callback. Texts that follow what is
typed are `live_text.LiveText`, not labels. No panel keeps state of the job.
"""
