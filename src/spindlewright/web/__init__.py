"""The bench in a browser. Thin: a route reads what was typed, asks one function, and shows the answer.

The pieces: ``app.create_app(shop)`` puts together guards (``security/``), pages (``pages/``), stages of the job card
(``stages/``) and the API (``api/``); ``rendering.page`` shows a template; ``errors`` tells what went wrong.

Add a page
    1. ``pages/<name>.py`` with ``router = APIRouter()``; it is found by itself.
    2. ``templates/pages/<name>.html``: ``{% extends "base.html" %}``, blocks ``title`` and ``main``; ``styles`` for
       style sheets, ``scripts`` for ``<script type="module" src="{{ static('name.js') }}"></script>``.
    3. Show it: ``return page(request, "<name>", job=…)``. Filters, as in ``{{ reading | measured }}``: ``filters.py``.
    4. Write plain ``def`` routes (they run beside each other in threads); ``async def`` only where a body is streamed.

Add a stage
    1. ``stages/<name>.py`` with ``router``, posting to ``/jobs/{number}/<name>/…``; a change ends with
       ``return back_to(f"/jobs/{number}", "<name>")`` (303 to the anchor).
    2. ``templates/stages/<name>.html``, included by the job card.

Take a form
    ``<form method="post" action="…">{{ token_field() }}``; fields by ``Annotated[str, Form()] = ""``. The token is
    checked for every form without further ado. A recording may also come as ``application/octet-stream`` by ``fetch``.
    What can't be taken: let the shop's error rise; the reader gets its sentence and what was typed, or show the form
    again with it (``pages/new.py``).

Add something for scripts
    ``api/<name>.py``, addresses under ``/api/``, answers with a response model, ``responses=ERRORS`` from
    ``api_errors`` so that the description tells the errors.

No inline script or style: the guards forbid both. Words go into the template, not into JavaScript.
"""
