// Where Kit looks for the app's own types of page data and errors; there are none.
declare global {
  namespace App {}
}

export {};
