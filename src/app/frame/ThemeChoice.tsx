import { chooseTheme, type Theme, useTheme } from './theme.ts';

export function ThemeChoice() {
  const theme = useTheme();
  return (
    <label className="theme-choice">
      <span className="unseen">Light or dark</span>
      <select value={theme} onChange={({ currentTarget }) => chooseTheme(currentTarget.value as Theme)}>
        <option value="system">As the system</option>
        <option value="light">Light</option>
        <option value="dark">Dark</option>
      </select>
    </label>
  );
}
