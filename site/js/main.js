// Starts the page: first what is seen, then the engine.

import { createController } from './controller.js';
import { Engine } from './engine.js';

createController(new Engine(), document).start();
