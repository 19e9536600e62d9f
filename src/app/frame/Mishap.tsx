import { Component, type ReactNode } from 'react';

/** Stands in for a part of the page that broke, so that the rest of it and the person's way out stay. */
export class Mishap extends Component<{ children: ReactNode }, { message: string | null }> {
  override state: { message: string | null } = { message: null };

  static getDerivedStateFromError(error: unknown): { message: string } {
    return { message: error instanceof Error ? error.message : String(error) };
  }

  override render(): ReactNode {
    const { message } = this.state;
    if (message === null) return this.props.children;
    return (
      <div className="waiting" role="alert">
        <h1>This view broke</h1>
        <p className="waiting-what">A fault of the program, not of the scan: {message}.</p>
        <p>Your file was not changed. Reload the page to go on; if it comes back, please report it.</p>
        <p className="waiting-ways">
          <button type="button" className="button button-main" onClick={() => location.reload()}>
            Reload the page
          </button>
        </p>
      </div>
    );
  }
}
