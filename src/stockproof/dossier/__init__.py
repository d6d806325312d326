"""Sets results out for people: documents, drawings, tables, and the verdicts on the screen."""

from stockproof.dossier.figures_json import figures_json
from stockproof.dossier.files import write_files, write_folder
from stockproof.dossier.screen import print_verdicts
from stockproof.dossier.trace import told, trace_json
from stockproof.dossier.write import display_of, dossier_files, drawing_files, engineering, proposal, write

__all__ = [
    "display_of",
    "dossier_files",
    "drawing_files",
    "engineering",
    "figures_json",
    "print_verdicts",
    "proposal",
    "told",
    "trace_json",
    "write",
    "write_files",
    "write_folder",
]
