"""Marking a class: take in, mend, run in a box, judge outside, record in nbgrader's gradebook, write
feedback.

``python instructor --help`` is the way in; guide.md tells the story.  ``solarlab`` never imports this
package.
"""
