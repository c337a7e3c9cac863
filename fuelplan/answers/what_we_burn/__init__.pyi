from . import words as words
from .words import LearnedTable as LearnedTable
