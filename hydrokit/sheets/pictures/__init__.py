"""Pictures of answers, for paper and screen: drawn by matplotlib, which comes with the extra ``plots``.

Files: ``gallery`` the front of it all, ``style`` how every picture looks, ``labels`` words and where they stand, ``bars``
bars, ``saving`` figures as files and text; then one file for each picture.
"""

from __future__ import annotations

from hydrokit.sheets.pictures.gallery import check_picture, figures_of, plot, save_plot
from hydrokit.sheets.pictures.saving import check_destination, svg_of

__all__ = ["check_destination", "check_picture", "figures_of", "plot", "save_plot", "svg_of"]
