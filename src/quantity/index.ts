export { type Fs, FS_PER_NS, fs, ns, inNs, formatTime } from './time.js';
export { type Range, range } from './range.js';
