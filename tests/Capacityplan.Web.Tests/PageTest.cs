using Bunit;
using Bunit.TestDoubles;
using Capacityplan.Web.Components.Layout;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Sections;
using Microsoft.Extensions.DependencyInjection;
using MudBlazor;
using MudBlazor.Services;

namespace Capacityplan.Web.Tests;

/// <summary>A test of a page over a real store, with the places outside its body that it fills.</summary>
public abstract class PageTest : BunitContext, IAsyncLifetime
{
    private protected TemporaryStore Store { get; private set; } = default!;

    private protected BunitNavigationManager Navigation => Services.GetRequiredService<BunitNavigationManager>();

    public async ValueTask InitializeAsync()
    {
        Store = await TemporaryStore.OpenAsync();
        JSInterop.Mode = JSRuntimeMode.Loose;
        Services.AddSingleton(Store.Plans).AddSingleton(Store.Catalogues).AddSingleton(Store.Files).AddSingleton<TimeProvider>(Store.Clock);
        Services.AddMudServices();
    }

    protected override async ValueTask DisposeAsyncCore()
    {
        await base.DisposeAsyncCore();
        await Store.DisposeAsync();
    }

    /// <summary>Opens the page with the bar's end before it and the answer row above it.</summary>
    private protected IRenderedComponent<IComponent> Open<TPage>(string address)
        where TPage : IComponent
    {
        Navigation.NavigateTo(address);
        return Render(builder =>
        {
            builder.OpenComponent<MudPopoverProvider>(0);
            builder.CloseComponent();
            builder.OpenComponent<SectionOutlet>(1);
            builder.AddComponentParameter(2, nameof(SectionOutlet.SectionName), PageSections.BarEnd);
            builder.CloseComponent();
            builder.OpenComponent<SectionOutlet>(3);
            builder.AddComponentParameter(4, nameof(SectionOutlet.SectionName), PageSections.Answer);
            builder.CloseComponent();
            builder.OpenComponent<TPage>(5);
            builder.CloseComponent();
        });
    }
}
