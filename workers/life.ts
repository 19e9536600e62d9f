/** Holds a lock from now until this worker ends; settles when it has it. */
export function live(lock: string): Promise<void> {
  return new Promise((resolve) => {
    void navigator.locks.request(lock, () => {
      resolve();
      return new Promise(() => undefined);
    });
  });
}
