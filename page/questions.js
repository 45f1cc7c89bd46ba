// questions.js - the docket's questions, in any order. Each is a module of its own:
//   id, question     its name and its heading
//   needs            the views it draws from
//   sight            which box of the table it looks at
//   docket(app)      its sentences
//   scene(app, size) what it adds to the table: {instead, on, over, noStrips}
//   press, grip, key what it does when the table is pressed, dragged, typed on
//   hint(app)        what can be done on the table, in a line

import { colours } from './colours.js';
import { paper } from './paper.js';
import { order } from './order.js';
import { seams } from './seams.js';
import { sheets } from './sheets.js';
import { take } from './take.js';
import { together } from './together.js';

export const QUESTIONS = [colours, paper, order, seams, sheets, take, together];
