"""The circuit diagram: numbered current paths, supply above and return below, as one standalone SVG.

Read in this order: ``elements`` (what is drawn), ``paths`` (what stands above what), ``wiring`` (how wires
run), ``filling``, ``reordering`` and ``columns`` (which path a symbol stands in), ``spacing``, ``tracks`` and
``placing`` (coordinates, the same in every state), ``layout`` (what shows a state), ``symbols`` and ``svg`` (ink).
For paper ``windows`` and ``cutting`` make sheets of it, ``printed`` and ``sheet_files`` their files.
"""
