/** One at a time, and only the newest: what was asked in between has been overtaken. */
export function newestOnly<T>(act: (value: T) => Promise<unknown>): (value: T) => void {
  let waiting: { readonly value: T } | null = null;
  let busy = false;
  const work = async (): Promise<void> => {
    busy = true;
    while (waiting !== null) {
      const { value } = waiting;
      waiting = null;
      await act(value);
    }
    busy = false;
  };
  return (value) => {
    waiting = { value };
    if (!busy) void work();
  };
}
