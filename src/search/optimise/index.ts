/** Optimisers by ask and tell. */
export type { Best, Box } from './box.js';
export { askCmaEs, type CmaSettings, type CmaState, createCmaEs, tellCmaEs } from './cma-es.js';
export { type Cost, minimise, minimiseCmaEs, minimiseNelderMead } from './minimise.js';
export { askNelderMead, createNelderMead, type NelderMeadSettings, type NelderMeadState, tellNelderMead } from './nelder-mead.js';
