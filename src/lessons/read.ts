/** What a lesson reads off a trace, and how it writes a number. */
export { at, firstS, highest, lowest, mean, type Point, surplus, throttleShutS, wobble } from '../score/read.js';

export const n = (value: number, digits = 0): string => {
  const text = value.toFixed(digits);
  return (Number(text) === 0 ? text.replace('-', '') : text).replace('-', '−');
};
