// Starts the page: first what is seen, then the engine.

import { startPage } from './controller.js';
import { Engine } from './engine.js';

startPage(new Engine(), document);
