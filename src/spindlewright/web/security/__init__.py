"""What guards the pages, one concern a module. Nobody logs in: whoever sits at the bench computer may do everything,
so the guards keep *other pages in the same browser* from doing it.

- ``headers``: what a page may load (nothing from outside, no inline script or style), no framing, no sniffing.
- ``hosts``: only asked by an address or a known name, so that a foreign name can't be pointed here (DNS rebinding).
- ``origins``: a change is only taken from our own pages.
- ``form_token``: and each form proves it with the token of its browser.
- ``body_size``: nothing larger than allowed is read.
"""
