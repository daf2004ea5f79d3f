"""Faults on real machines: what may be set up and how, the papers for it, and the register of what is in.

The instructor's printed side. Each module has one idea; the pages are made from what they find.
"""
