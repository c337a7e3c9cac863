from .joining import Joined as Joined
from .joining import faults_of_import as faults_of_import
from .joining import joined as joined
from .joining import write_import as write_import
from .rows import KINDS as KINDS
from .rows import import_own_table as import_own_table
from .rows import import_table as import_table
from .rows import own_table as own_table
