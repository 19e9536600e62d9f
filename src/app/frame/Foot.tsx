/** What the program is, and what it is made of; below every place that scrolls. */
export function Foot() {
  return (
    <footer className="frame-foot">
      <p>Nothing leaves this computer.</p>
      <a href="licences.html" target="_blank" rel="noopener">
        Licences
      </a>
    </footer>
  );
}
