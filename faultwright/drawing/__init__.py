"""The circuit diagram: numbered current paths, supply above and return below, as one standalone SVG.

Read in this order: ``elements`` (what is drawn), ``paths`` (what stands above what), ``wiring`` (how wires
run), ``columns`` (which path a symbol stands in), ``layout`` (coordinates), ``symbols`` and ``svg`` (ink).
"""
