/** The properties are tried on the same cases each time; FC_SEED=… tries others, FC_SEED=random new ones at each run. */
import fc from 'fast-check';

const { FC_SEED = '20250101' } = process.env;
if (FC_SEED !== 'random') fc.configureGlobal({ seed: Number(FC_SEED) });
