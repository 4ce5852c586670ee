"""Reads drawings with an independent reader, and prints what it found, a line each."""
import sys

import ezdxf

for file in sys.argv[1:]:
    drawing = ezdxf.readfile(file)
    audit = drawing.audit()
    print("version", drawing.dxfversion, "faults", len(audit.errors) + len(audit.fixes))
    for e in drawing.modelspace():
        if e.dxftype() == "POINT":
            where = [e.dxf.location]
        elif e.dxftype() == "CIRCLE":
            where = [e.dxf.center, (e.dxf.radius, 0)]
        elif e.dxftype() == "TEXT":
            where = [e.dxf.insert]
        else:
            where = list(e.points())
        closed = "closed" if e.dxftype() == "POLYLINE" and e.is_closed else "-"
        text = e.dxf.text.replace(" ", "_") if e.dxftype() == "TEXT" else "-"
        print(e.dxftype(), e.dxf.layer, closed, text, *("%.4f,%.4f" % (p[0], p[1]) for p in where))
