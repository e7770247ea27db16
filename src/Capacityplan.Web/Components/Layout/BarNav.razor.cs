using Microsoft.AspNetCore.Components.Routing;

namespace Capacityplan.Web.Components.Layout;

/// <summary>The bar's links. The one whose page this is carries <c>aria-current="page"</c>; one whose pages include this
/// one, such as Plans while a plan is open, carries <c>aria-current="true"</c>.</summary>
public sealed partial class BarNav
{
    private static readonly (string Path, string Name)[] s_pages =
        [("plans", "Plans"), ("machines", "Machines"), ("methods", "Methods")];

    protected override void OnInitialized() => Navigation.LocationChanged += OnLocationChanged;

    public void Dispose() => Navigation.LocationChanged -= OnLocationChanged;

    private void OnLocationChanged(object? sender, LocationChangedEventArgs e) => _ = InvokeAsync(StateHasChanged);

    private string? CurrentFor(string path)
    {
        string here = Navigation.ToBaseRelativePath(Navigation.Uri);
        int end = here.AsSpan().IndexOfAny('?', '#');
        here = (end < 0 ? here : here[..end]).TrimEnd('/');
        return string.Equals(here, path, StringComparison.OrdinalIgnoreCase) ? "page"
            : here.StartsWith(path + "/", StringComparison.OrdinalIgnoreCase) ? "true"
            : null;
    }
}
