// The engine room of the page: the WebAssembly programs, one in a worker and one on the stage. No part of it is seen.
export { bus, kept, memory } from './keep.js';
export { examinerIsHere, load } from './programs.js';
export { startExaminer, warmUp } from './examiner.js';
export { paintPictures, stopPainting } from './painter.js';
export { exchange, forget, give, giveBeside, lighten, startStage, stopStage, swap, useGpu } from './stagestart.js';

import { programs } from './programs.js';

programs(); // at once, so that everything is fetched while the page is being painted
