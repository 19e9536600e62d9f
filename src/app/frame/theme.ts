import { useSyncExternalStore } from 'react';

export type Theme = 'system' | 'light' | 'dark';

const KEY = 'knapgauge.theme';
const listeners = new Set<() => void>();
const darkSystem = window.matchMedia('(prefers-color-scheme: dark)');

/** The theme that was chosen; kept in the browser where it allows that. */
export function readTheme(): Theme {
  const { theme } = document.documentElement.dataset;
  return theme === 'light' || theme === 'dark' ? theme : 'system';
}

export function chooseTheme(theme: Theme): void {
  show(theme);
  try {
    localStorage.setItem(KEY, theme);
  } catch {
    // A browser that keeps nothing still shows the theme until the page is closed.
  }
}

export function restoreTheme(): void {
  try {
    const kept = localStorage.getItem(KEY);
    if (kept === 'light' || kept === 'dark') show(kept);
  } catch {
    // As above.
  }
}

function show(theme: Theme): void {
  if (theme === 'system') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
  for (const listener of listeners) listener();
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  darkSystem.addEventListener('change', listener);
  return () => {
    listeners.delete(listener);
    darkSystem.removeEventListener('change', listener);
  };
}

export function useTheme(): Theme {
  return useSyncExternalStore(subscribe, readTheme);
}

/** What is on show now, whoever chose it. */
export function useIsDark(): boolean {
  return useSyncExternalStore(subscribe, () => {
    const theme = readTheme();
    return theme === 'system' ? darkSystem.matches : theme === 'dark';
  });
}
