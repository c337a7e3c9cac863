from .joined import Joined as Joined
from .joined import faults_of_import as faults_of_import
from .joined import joined as joined
from .joined import write_import as write_import
from .rows import KINDS as KINDS
from .rows import import_own_table as import_own_table
from .rows import import_table as import_table
from .rows import own_table as own_table
