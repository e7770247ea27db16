using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Diagnostics;

namespace Capacityplan.Web.Components.Layout;

/// <summary>The bar, the answer row a page may fill, and the main landmark.</summary>
public sealed partial class PlainLayout
{
    [Inject]
    private NavigationManager Navigation { get; set; } = default!;

    [CascadingParameter]
    private HttpContext? HttpContext { get; set; }

    // With a base address in the head, "#main" alone would lead to the first page; and the pages for what is not found or
    // went wrong are written at another address than the one asked for.
    private string Here
    {
        get
        {
            if (HttpContext?.Features.Get<IStatusCodeReExecuteFeature>() is { } missing)
                return missing.OriginalPathBase + missing.OriginalPath + missing.OriginalQueryString;
            if (HttpContext?.Features.Get<IExceptionHandlerPathFeature>() is { } failed)
                return HttpContext.Request.PathBase + failed.Path;
            return Navigation.Uri.Split('#')[0];
        }
    }
}
