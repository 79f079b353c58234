/** A random sample, and what it lets expect of the whole. */

/** The number after `state` (not 0) of the generator xorshift32: from 1 to 2^32 - 1. */
function next(state) {
  const a = state ^ (state << 13);
  const b = a ^ (a >>> 17);
  return (b ^ (b << 5)) >>> 0;
}

/** `size` of `all`, each equally likely, or all where there are fewer: the first of a shuffle that `seed` decides. */
export function sampleOf(all, size, seed) {
  const shuffled = [...all];
  const taken = Math.min(size, shuffled.length);
  // Seeds that follow each other are spread over all states.
  let state = Math.imul(seed, 0x9e3779b1) >>> 0 || 1;
  for (let place = 0; place < taken; place++) {
    state = next(state);
    const other = place + (state % (shuffled.length - place));
    [shuffled[place], shuffled[other]] = [shuffled[other], shuffled[place]];
  }
  return shuffled.slice(0, taken);
}

/** Of the normal distribution, 95 % lie within so many standard deviations of its middle. */
const Z = 1.959964;

/**
 * The score interval (Wilson) of a share with 95 % confidence: those shares of a whole of which `hits` in a random sample of
 * `size` are no surprise.
 */
export function scoreInterval(hits, size) {
  const share = hits / size;
  const middle = share + Z ** 2 / (2 * size);
  const half = Z * Math.sqrt((share * (1 - share)) / size + Z ** 2 / (4 * size ** 2));
  const scale = 1 + Z ** 2 / size;
  return { least: (middle - half) / scale, most: (middle + half) / scale };
}
