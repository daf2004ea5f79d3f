"""The course as data: circuits, lessons and paper blueprints, with hardly any code."""
