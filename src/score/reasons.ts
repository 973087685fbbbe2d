/** Why a metric is absent, in words that the reports print, and what such a reason says about a limit on it. */

export const STALLS = 'the engine stalls';
export const DRIVER = 'the driver acts to the end of the window';
export const STILL = 'the speed moves less than';
export const DIES_AWAY = 'the oscillation dies away';
export const AT_REST = 'the speed comes to rest without swinging to and fro';
export const WANDERS = 'the speed wanders without a period';
export const SHORT = 'the stretch is too short to tell';
export const STILL_FALLS = 'the speed never came back to the idle from where the driver had put it';
export const NO_STEP = 'the target moved by less than the settling band';
export const NOT_HELD = 'the driver held the speed, not the target';
export const NEVER_IDLE = 'the speed was never the idle’s own';

/** There is none of it, it cannot be in such a window, or something worse is told in its place. */
const NOTHING = [STALLS, DRIVER, STILL, DIES_AWAY, AT_REST, WANDERS, NO_STEP, NOT_HELD, NEVER_IDLE];
/** The window was over too soon; another one may tell. */
const TOO_SOON = [SHORT, STILL_FALLS, 'the window ends before', 'the run ends, or the next event comes,'];

/** What an absent metric says about a limit: kept, too soon to tell, or not told though there was time. */
export function absence(reason: string | undefined): 'kept' | 'too soon' | 'untold' {
  const starts = (text: string): boolean => reason?.startsWith(text) === true;
  return NOTHING.some(starts) ? 'kept' : TOO_SOON.some(starts) ? 'too soon' : 'untold';
}
