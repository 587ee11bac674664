// A position to keep: the balls are placed on the drawing, by keys or in numbers.

import { fill } from '../score/dom.js';
import { Board } from './board.js';

const { layout, cue_ball: cue, table } = JSON.parse(document.getElementById('board-data').textContent);
const board = new Board(document.getElementById('position-form'), {
    table,
    layout,
    cue,
    changed: (said) => fill('board-say', said ?? ''),
});
board.root.dataset.ready = '';
