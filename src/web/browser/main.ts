import { drawFigures } from './figures.js';
import { keepLive } from './live.js';

drawFigures();
keepLive();
