/** What every YAML file that is written here needs: texts that cannot be mistaken, and comments on top. */
import { clean, wrap } from './text.js';

const COMMENT_COLUMNS = 118;

/** A text as YAML takes it in any position: in double quotes, what a reader might not pass on escaped (JSON is YAML 1.2). */
export const quoted = (text: string): string => JSON.stringify(text).replace(/[\u007f-\u009f\u2028\u2029\ufeff]/g, (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`);

/** Sentences as comment lines, whatever is in them. */
export const comments = (head: readonly string[]): readonly string[] => head.flatMap((text) => wrap(clean(text), COMMENT_COLUMNS)).map((text) => `# ${text}`);
