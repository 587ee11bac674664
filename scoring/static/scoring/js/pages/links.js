// The cards of the tables: a button that prints.

import { showPrint } from './printing.js';

showPrint();
