"""``player.html``: one page that plays a session, shows its words in step, and needs no network.

The page's own files lie beside this module as an editor knows them: ``page.html``,
``player.css``, ``player.js``.  Everything the page needs is put into that one file; a
content security policy in it forbids loading anything but the recording.
"""

from breathmark.deliver.player.page import player_html

__all__ = ["player_html"]
