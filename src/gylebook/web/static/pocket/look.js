/* The chosen look, before anything is drawn. */
try { const look = localStorage.getItem("gylebook-look"); if (look) document.documentElement.dataset.look = look; } catch { /* as the device */ }
