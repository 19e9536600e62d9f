import { createStore } from 'zustand/vanilla';

export interface GuideState {
  /** Number of the step of the guided look that is on show; null when there is none. */
  readonly step: number | null;
}

export type Guide = ReturnType<typeof createGuide>;

export function createGuide() {
  const store = createStore<GuideState>(() => ({ step: null }));
  return {
    ...store,
    go: (step: number): void => store.setState({ step }),
    leave: (): void => store.setState({ step: null }),
  };
}
